"""A second opinion on plans, for tests: it shares no code with the engine but the case."""
