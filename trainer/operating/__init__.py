"""What the operator's hands do: how levers and settings move, without a widget or a clock."""
