"""Sentences chosen from content/ for what happened."""
