"""What happened in a build, held against its plan."""
