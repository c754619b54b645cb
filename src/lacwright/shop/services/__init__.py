"""What writes the record: one request, one transaction each."""
