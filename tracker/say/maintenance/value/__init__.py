"""What a task is worth, in words.

In reading order: ``costs``, ``kind_value`` (one kind of part), ``task_value`` (all it protects),
``picture`` (the cost by interval), ``value_verdict`` (what to do).
"""
