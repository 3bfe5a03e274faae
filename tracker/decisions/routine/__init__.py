"""Does a maintenance routine pay?"""
