"""After the work: finished measures as they came, beside what the alterations promised."""
