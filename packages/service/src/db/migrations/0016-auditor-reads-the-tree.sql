-- Whoever audits the record holds the tree of the ledger against its entries, and the database against the files that
-- made it: all of it hashes, which are nobody's.
grant select on ll.ledger_tree, ll.ledger_tile, ll.ledger_checkpoint, ll.migration to ll_auditor;
