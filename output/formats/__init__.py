"""Files of one format each: PDF, SVG, DXF, JSON."""
