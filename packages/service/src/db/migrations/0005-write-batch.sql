-- How submissions are written: any number of them in one call, all or none.

-- Which key of a firm was used for which bytes, and for what. Written in the transaction of its effect:
-- either both exist or neither, so there is no state "begun".
create table ll.idempotency (
  firm_id uuid not null references ll.firm,
  key text not null check (length(key) between 1 and 128),
  -- SHA-256 over operation, path and raw body.
  fingerprint ll.digest not null,
  operation text not null check (length(operation) between 1 and 80),
  -- What was answered, and about what.
  status smallint not null check (status between 200 and 499),
  resource_id uuid,
  created_at timestamptz not null default now(),
  primary key (firm_id, key)
);
select ll.wall_in('ll.idempotency');

grant select, insert on ll.idempotency to ll_firm, ll_writer;
grant select on ll.idempotency to ll_auditor;
create policy firm on ll.idempotency for all to ll_firm
  using (firm_id = ll.current_firm()) with check (firm_id = ll.current_firm());
-- The writer also reads here, to name the keys that were taken; nowhere else.
create policy writer on ll.idempotency for all to ll_writer using (true) with check (true);
create policy auditor on ll.idempotency for select to ll_auditor using (true);

-- Writes tests with their contexts, idempotency keys and ledger entries; answers the index of the first
-- entry, the others follow in the order of the arrays. One element a test, down to `entries`; then one a
-- distinct context; then one a test that came with an idempotency key.
--
-- Raises LL001, and writes nothing, if any of the keys was used before.
--
-- Order of the statements: keys first, because a replay is found there and a duplicate in flight waits
-- there; the head last but one, because its lock is shared by all who write. Keys and contexts are
-- inserted sorted, so that two batches never wait for each other crosswise.
create function ll.write_batch(
  ids uuid[], firms uuid[], plants uuid[], testers uuid[], days date[], arrivals timestamptz[], editions text[],
  raws bytea[], raw_hashes bytea[], salts bytea[], context_hashes bytea[], evaluation_hashes bytea[],
  verdicts text[], findings json[],
  flows float8[], heads float8[], lifts float8[], input_powers float8[], efficiencies float8[],
  efficiency_widths float8[], specific_capacities float8[], energies float8[],
  key_ids text[], leaf_hashes bytea[], entries bytea[],
  snapshot_firms uuid[], snapshot_hashes bytea[], snapshot_plants uuid[], snapshot_bodies bytea[],
  keyed_firms uuid[], keys text[], fingerprints bytea[], operations text[], keyed_tests uuid[]
) returns bigint language plpgsql as $$
declare
  added integer;
  first_index bigint;
begin
  insert into ll.idempotency (firm_id, key, fingerprint, operation, status, resource_id)
    select k.firm, k.key, k.fingerprint, k.operation, 201, k.test
    from unnest(keyed_firms, keys, fingerprints, operations, keyed_tests) k(firm, key, fingerprint, operation, test)
    order by k.firm, k.key
    on conflict do nothing;
  get diagnostics added = row_count;
  if added <> cardinality(keys) then
    raise exception 'replay in batch' using errcode = 'LL001';
  end if;

  insert into ll.context_snapshot (firm_id, sha256, plant_id, body)
    select c.firm, c.hash, c.plant, c.body
    from unnest(snapshot_firms, snapshot_hashes, snapshot_plants, snapshot_bodies) c(firm, hash, plant, body)
    order by c.firm, c.hash
    on conflict do nothing;

  insert into ll.field_test (
      id, firm_id, plant_id, tester_id, tested_on, received_at, edition,
      raw, raw_sha256, salt, context_sha256, evaluation_sha256, soundness, findings,
      flow_m3_s, head_m, lift_m, input_power_w, efficiency,
      efficiency_u, specific_capacity_m2_s, energy_per_volume_j_m3, key_id)
    select * from unnest(
      ids, firms, plants, testers, days, arrivals, editions,
      raws, raw_hashes, salts, context_hashes, evaluation_hashes, verdicts, findings,
      flows, heads, lifts, input_powers, efficiencies,
      efficiency_widths, specific_capacities, energies, key_ids);

  update ll.ledger_head set next = next + cardinality(ids) returning next - cardinality(ids) into first_index;
  insert into ll.ledger_entry (index, leaf_hash, entry, kind, firm_id, subject)
    select first_index + e.place - 1, e.hash, e.entry, 'test', e.firm, e.test
    from unnest(leaf_hashes, entries, firms, ids) with ordinality e(hash, entry, firm, test, place);
  return first_index;
end $$;
revoke execute on function ll.write_batch from public;
grant execute on function ll.write_batch to ll_writer;
