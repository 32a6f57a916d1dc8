"""The only SQL: tables, the single writer, the ledger, backups."""
