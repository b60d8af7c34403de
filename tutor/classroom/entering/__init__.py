"""Answers on paper, entered by keyboard."""
