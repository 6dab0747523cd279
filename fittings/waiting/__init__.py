"""The waiting list: who wants an earlier time, and whom a time that came free would suit."""
