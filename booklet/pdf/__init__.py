"""The only door to reportlab, svglib and pypdf: writing the file, and reading it back."""
