# These scripts made the stored results; they need libraries that the tests do not.
collect_ignore_glob = ["stored_*.py"]
