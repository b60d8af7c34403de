"""Formulas as MathML and typst."""
