"""The inspection drill: one circuit, one key, the next."""
