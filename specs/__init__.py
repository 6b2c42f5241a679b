"""The published tables and file formats that riglint holds itself to, shipped as data."""
