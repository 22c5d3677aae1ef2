"""What the plan takes: thread, hours, cloth, batting. Plain figures in, plain figures out."""
