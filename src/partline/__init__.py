"""Predicts a two-colour soft-plastic pour before any plastic is heated."""
