"""A class at work: benches dealt, records kept, predictions judged, work reviewed."""
