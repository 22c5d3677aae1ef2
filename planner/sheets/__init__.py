"""What leaves the planner to be looked at, printed or cut."""
