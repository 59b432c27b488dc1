"""Trials: plan them, taste them blind, read them. Statistics alone: nothing here knows aroma."""
