"""The families of circuits, and values drawn for them."""
