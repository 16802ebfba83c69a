"""What is not saved: kept, said when the window closes, offered after a crash and taken up again."""
