"""Pockets: the areas of a border, each filled before moving on."""
