"""Solvers that know no physics: quadrature rules and the compiling of kernels."""
