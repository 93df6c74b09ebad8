"""Garments: body measurements, designs, and a folder for each block. It knows no page and touches no file."""
