"""Network, solver, session and ledger: a rig brought to life, without Qt."""
