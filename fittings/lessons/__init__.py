"""What the house has learnt: read from the ledger, made once a day, shown to the owner, undone."""
