"""Small questions on top of a screen."""
