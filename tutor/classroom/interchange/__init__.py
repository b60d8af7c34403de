"""Problem sheets and results in the forms that course systems exchange."""
