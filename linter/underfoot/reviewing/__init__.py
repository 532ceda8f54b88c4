"""A review as text, as JSON and as the record that is kept beside the plan."""
