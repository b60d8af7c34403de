"""Words: texts of content/, plain ASCII, lines folded, dates."""
