"""Full-screen tutor, plain drill and command line of Rungwise."""
