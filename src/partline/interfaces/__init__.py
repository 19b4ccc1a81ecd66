"""Doors to the house: web, command line, cards, figures."""
