"""Bode charts as text."""
