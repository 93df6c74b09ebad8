"""Changes to the texts of designs and size tables, as they are written."""
