"""Problem sheets on paper: pages, drawings and files."""
