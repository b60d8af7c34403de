"""Typed formulas: tokens, tree, reader, layout and exact comparison."""
