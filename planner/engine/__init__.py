"""Arithmetic on planning cases: no Django, no clock, no database.

A planning case goes in, a coverage table or a plan comes out; everything here can be
used from a notebook.
"""
