"""The pure domain of Cornerwise: no web, no files, no clock."""
