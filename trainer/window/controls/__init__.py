"""What every screen is made of: buttons, entries, lists, panes, handles, and the table of keys."""
