"""Benchward: the Django project, and inside it the engine that computes."""
