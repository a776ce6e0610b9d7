"""An invented nursery and simulated books whose hidden truth is known: pure, seeded."""
