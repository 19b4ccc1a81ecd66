"""Answers from many looks: ranges, loadings that would reach what is wanted, advice."""
