"""The alterations of one garment planned: from its measures and what is pinned, line by line."""
