"""The workshop's own history played again: were the forecasts right, were the orders cheap?"""
