"""The thin shell round the planner: HTTP, storage, pages."""
