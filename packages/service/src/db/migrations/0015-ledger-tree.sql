-- The tree over the entries of the ledger (RFC 6962, section 2.1): how far it reaches, its tiles, its signed checkpoints.
--
-- Entries are in order and durable when a submission is answered; the tree follows within a second, made by whichever
-- process gets to it. All of it can be made again from the entries, so nothing here is ever the only copy of a fact.

-- How far the tree reaches: the first `size` entries, as the roots of the perfect subtrees they fall into.
create table ll.ledger_tree (
  one boolean primary key default true check (one),
  size bigint not null check (size >= 0),
  -- 32 bytes a subtree, larger ones first: as many as the size has bits set.
  peaks bytea not null check (octet_length(peaks) % 32 = 0)
);
insert into ll.ledger_tree (size, peaks) values (0, '');

create function ll.tree_only_grows() returns trigger language plpgsql as $$
begin
  if new.size > old.size then return new; end if;
  raise exception 'the tree only grows: size % after %', new.size, old.size using errcode = '55000';
end $$;
revoke execute on function ll.tree_only_grows() from public;
create trigger only_grows before update on ll.ledger_tree for each row execute function ll.tree_only_grows();
create trigger append_only before delete or truncate on ll.ledger_tree
  for each statement execute function ll.refuse_change();
alter table ll.ledger_tree enable always trigger only_grows;
alter table ll.ledger_tree enable always trigger append_only;

-- Full tiles: 256 hashes of one height (C2SP tlog-tiles). Those that are not full are read from the entries and from
-- the roots of the tiles below.
create table ll.ledger_tile (
  -- Level 0 holds leaves; a hash of level n + 1 is the root of a tile of level n.
  level smallint not null check (level between 0 and 6),
  index bigint not null check (index >= 0),
  hashes bytea not null check (octet_length(hashes) = 8192),
  root ll.digest not null,
  primary key (level, index)
);
-- Hashes don't compress.
alter table ll.ledger_tile alter column hashes set storage external;

-- What was signed, as it was signed (C2SP tlog-checkpoint). The newest: order by size desc limit 1.
create table ll.ledger_checkpoint (
  size bigint primary key check (size > 0),
  root ll.digest not null,
  note text not null check (length(note) between 1 and 20000),
  signed_at timestamptz not null
);

select ll.keep_append_only(t) from unnest(array['ll.ledger_tile', 'll.ledger_checkpoint']::regclass[]) t;

-- The keys that ever signed: where kind = 'signing-key' order by index.
create index ledger_entry_signing_key on ll.ledger_entry (index) where kind = 'signing-key';

-- Integrator: reads the entries, which are hashes and ids, and writes the tree; sees no sheet, no record, no key of a
-- caller. To the entries it adds one kind only, which concerns no firm.
grant usage on schema ll to ll_integrator;
grant select, update (next) on ll.ledger_head to ll_integrator;
grant select, insert on ll.ledger_entry to ll_integrator;
create policy integrator on ll.ledger_entry for select to ll_integrator using (true);
create policy integrator_adds on ll.ledger_entry for insert to ll_integrator
  with check (kind = 'signing-key' and firm_id is null and subject is null);
grant select, update (size, peaks) on ll.ledger_tree to ll_integrator;
grant select, insert on ll.ledger_tile, ll.ledger_checkpoint to ll_integrator;
