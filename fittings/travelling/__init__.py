"""Fittings in another town: trips, who is on the way when, and what is packed for them."""
