"""The window itself: its page, what lies over it, keys, settings, opening and closing."""
