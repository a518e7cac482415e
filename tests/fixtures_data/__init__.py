"""Tests of the data that ships: the catalogue and the invented district."""
