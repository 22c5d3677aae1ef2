"""The JSON interface: one planner call a route."""
