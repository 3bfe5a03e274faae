"""Lifetimes to probability, knowing no printer: arrays in, results out. Read in this order:

`normal` (two points of a law), `outcomes` (the one gate), `curves` (no shape assumed), `fit` (a
shape by maximum likelihood), `life_model` (few failures and a stated belief: what every forecast
rests on), `regression` (what changes the risk), `events` (what happens again and again). Each
imports only from its left.
"""
