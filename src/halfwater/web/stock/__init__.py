"""Stock: batches and where they stand."""
