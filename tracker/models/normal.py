"""Two points of the standard normal law that limits are made from: each stands here alone."""

NORMAL_90 = 1.2815515655446004  # nine in ten lie below: ± it holds 80 %
NORMAL_975 = 1.959963984540054  # ± it holds 95 %
