"""The report's page: one file of HTML that needs nothing else."""
