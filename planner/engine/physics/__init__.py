"""What a device can physically do: spinning, seeing, measuring light, holding heat, power.

Arrays in, arrays out: every function takes numbers or numpy arrays, broadcasts them, and
returns floats or arrays of the broadcast shape. Units stand in the names. A value that
cannot exist is refused with ``InputError``; a NaN means "not known" and stays NaN.
"""
