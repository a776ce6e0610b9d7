"""The pages: form in, deed or query, context out. One folder a place."""
