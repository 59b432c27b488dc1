"""The drink in the glass: fit, heat, fizz, balance."""
