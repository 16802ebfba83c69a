"""The strip: traces over time, cursors, its list, its export."""
