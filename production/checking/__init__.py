"""The checker of plans: reads the exchanged forms itself and shares no code with the planner."""
