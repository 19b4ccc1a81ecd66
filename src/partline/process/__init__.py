"""Bench models of one pour: where a law meets a material."""
