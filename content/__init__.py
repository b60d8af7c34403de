"""The words that learners read, as data files; edited without touching Python."""
