"""What the record answers; nothing here writes."""
