"""What has to hold between the tables of a site, as findings with sentences for people."""
