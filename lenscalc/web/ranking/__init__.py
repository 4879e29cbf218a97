"""Which candidates are worth making."""
