"""The workshop's own history played again: were the forecasts right, the orders cheap? In order:

`history` (the entry), `needs` (what was needed when), `past_fits` (the life model as it stood),
`forecasts`, `base_rates`, `gains` and `coverage` (foretold against happened), `advice` and
`past_advice` (what would have been said), `shelf` (lived through), `costs`, `findings`.
"""
