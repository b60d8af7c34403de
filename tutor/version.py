"""The version of the program; imports nothing."""

VERSION = "0.1.0"
