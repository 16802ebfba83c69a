"""A session as the window sees it, and the base of what presents it."""
