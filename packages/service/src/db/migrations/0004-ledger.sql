-- The log of everything that happened: entries in one order without gaps.

-- The next free index. One row: whoever appends holds it until the commit, so that the order of the
-- indexes is the order of the commits, and a failure leaves no gap. A sequence would promise neither.
create table ll.ledger_head (
  one boolean primary key default true check (one),
  next bigint not null check (next >= 0)
);
insert into ll.ledger_head (next) values (0);

create function ll.only_forward() returns trigger language plpgsql as $$
begin
  if new.next > old.next then return new; end if;
  raise exception 'the ledger only grows: next index % after %', new.next, old.next using errcode = '55000';
end $$;
revoke execute on function ll.only_forward() from public;
create trigger only_forward before update on ll.ledger_head for each row execute function ll.only_forward();
create trigger append_only before delete or truncate on ll.ledger_head
  for each statement execute function ll.refuse_change();
alter table ll.ledger_head enable always trigger only_forward;
alter table ll.ledger_head enable always trigger append_only;

-- Hashes and ids only, no reading and no person: an entry can't be taken back.
create table ll.ledger_entry (
  index bigint primary key check (index >= 0),
  leaf_hash ll.digest not null,
  -- Canonical JSON, as hashed.
  entry bytea not null check (octet_length(entry) between 2 and 4000),
  kind text not null check (kind ~ '^[a-z][a-z-]{0,39}$'),
  -- Null for what concerns no firm. No foreign key: an entry outlives what it is about.
  firm_id uuid,
  -- What it is about: a test, so far.
  subject uuid,
  -- Leaf of the tree: SHA-256(0x00 || entry) (RFC 6962, section 2.1).
  constraint ledger_entry_hash_check check (sha256('\x00'::bytea || entry) = leaf_hash)
);
-- The entries about one test, oldest first: where subject = … order by index.
create index ledger_entry_subject on ll.ledger_entry (subject, index);

select ll.keep_append_only('ll.ledger_entry'), ll.wall_in('ll.ledger_entry');

grant select, update (next) on ll.ledger_head to ll_writer;
grant insert on ll.ledger_entry to ll_writer;
create policy writer on ll.ledger_entry for insert to ll_writer with check (true);

grant select on ll.ledger_entry to ll_firm, ll_program, ll_auditor;
create policy firm on ll.ledger_entry for select to ll_firm using (firm_id = ll.current_firm());
create policy program on ll.ledger_entry for select to ll_program
  using (exists (select from ll.field_test given where given.id = ledger_entry.subject));
create policy auditor on ll.ledger_entry for select to ll_auditor using (true);
grant select on ll.ledger_head to ll_auditor;
