"""Plans that were told, as they are kept in the journal."""
