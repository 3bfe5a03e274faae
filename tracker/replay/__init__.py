"""The workshop's own history played again: were the forecasts right, the orders cheap? In order:

`history` (the entry), `needs` (what was needed when), `forecasts` and `coverage` (foretold against
happened), `advice` (what would have been said), `shelf` (lived through), `costs`, `findings`.
"""
