"""Where each litre and watt goes: ledgers of an instant, series and totals over time, what it costs."""
