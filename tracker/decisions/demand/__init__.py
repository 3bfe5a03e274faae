"""How many pieces of a part kind will be needed: renewals of every position, added up."""
