"""Who is asking, and the door before that."""
