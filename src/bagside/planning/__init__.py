"""The one path of a job, and its steps, calendar and cost."""
