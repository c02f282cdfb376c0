-- As in 0005 and 0013, with the narrow row for statistics. It comes last, so that the lock
-- under which places are given is held for a moment only.
drop function ll.write_batch;
create function ll.write_batch(
  ids uuid[], firms uuid[], plants uuid[], testers uuid[], days date[], arrivals timestamptz[], editions text[],
  raws bytea[], raw_hashes bytea[], salts bytea[], context_hashes bytea[], evaluation_hashes bytea[],
  verdicts text[], findings json[],
  flows float8[], heads float8[], lifts float8[], input_powers float8[], efficiencies float8[],
  efficiency_widths float8[], specific_capacities float8[], energies float8[],
  key_ids text[], leaf_hashes bytea[], entries bytea[],
  snapshot_firms uuid[], snapshot_hashes bytea[], snapshot_plants uuid[], snapshot_bodies bytea[],
  keyed_firms uuid[], keys text[], fingerprints bytea[], operations text[], keyed_tests uuid[],
  groups text[], standing_levels float8[], annual_energies float8[], annual_volumes float8[], costs float8[]
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
  perform ll.hold_facts();
  insert into ll.test_fact (
      happened, ledger_size, test_id, firm_id, plant_id, tester_id, tested_on, edition, soundness, groups,
      flow_m3_s, head_m, lift_m, input_power_w, efficiency, efficiency_u, specific_capacity_m2_s, energy_per_volume_j_m3,
      standing_level_m, annual_energy_j, annual_volume_m3, cost_per_volume)
    select 'test', first_index + t.place, t.id, t.firm, t.plant, t.tester, t.day, t.edition, t.verdict, t.own,
           t.flow, t.head, t.lift, t.input, t.ope, t.width, t.capacity, t.energy,
           t.standing, t.used, t.pumped, t.cost
    from unnest(ids, firms, plants, testers, days, editions, verdicts, groups,
                flows, heads, lifts, input_powers, efficiencies, efficiency_widths, specific_capacities, energies,
                standing_levels, annual_energies, annual_volumes, costs) with ordinality
         t(id, firm, plant, tester, day, edition, verdict, own, flow, head, lift, input, ope, width, capacity, energy,
           standing, used, pumped, cost, place)
    order by t.place;
  return first_index;
end $$;
revoke execute on function ll.write_batch from public;
grant execute on function ll.write_batch to ll_writer;

drop function ll.write_revision;
create function ll.write_revision(
  test uuid, firm uuid, plant uuid, tester uuid, day date, arrived timestamptz, method_edition text,
  sheet bytea, sheet_hash bytea, test_salt bytea, context_hash bytea, context_body bytea, evaluation_hash bytea,
  verdict text, told json, figures float8[], key text, version integer, revised uuid, why text,
  idempotency_key text, print bytea, deed text, leaf bytea, entry_bytes bytea, own_groups text, more float8[]
) returns bigint language plpgsql as $$
declare
  added integer;
  index bigint;
begin
  if idempotency_key is not null then
    insert into ll.idempotency (firm_id, key, fingerprint, operation, status, resource_id)
      values (firm, idempotency_key, print, deed, 201, test) on conflict do nothing;
    get diagnostics added = row_count;
    if added = 0 then raise exception 'replay in batch' using errcode = 'LL001'; end if;
  end if;
  insert into ll.context_snapshot (firm_id, sha256, plant_id, body)
    values (firm, context_hash, plant, context_body) on conflict do nothing;
  insert into ll.field_test (
      id, firm_id, plant_id, tester_id, tested_on, received_at, edition,
      raw, raw_sha256, salt, context_sha256, evaluation_sha256, soundness, findings,
      flow_m3_s, head_m, lift_m, input_power_w, efficiency,
      efficiency_u, specific_capacity_m2_s, energy_per_volume_j_m3, key_id, revision, revision_of)
    values (test, firm, plant, tester, day, arrived, method_edition,
            sheet, sheet_hash, test_salt, context_hash, evaluation_hash, verdict, told,
            figures[1], figures[2], figures[3], figures[4], figures[5],
            figures[6], figures[7], figures[8], key, version, revised);
  insert into ll.test_closure (test_id, firm_id, how, successor, reason, key_id, closed_at)
    values (revised, firm, 'superseded', test, why, key, arrived);
  insert into ll.test_program (test_id, program_id, turn, consent, consented_at, evidence, recorded_at, firm_id,
                               tested_on, key_id)
    select test, given.program_id, 1, 'given', given.consented_at, given.evidence, arrived, firm, day, key
    from ll.test_program given
    where given.test_id = revised and given.consent = 'given'
      and not exists (select from ll.test_program later
                      where later.test_id = given.test_id and later.program_id = given.program_id
                        and later.turn > given.turn);
  index := ll.append_entry('revision', firm, test, entry_bytes, leaf);
  perform ll.hold_facts();
  insert into ll.test_fact (
      happened, ledger_size, test_id, firm_id, plant_id, tester_id, tested_on, edition, soundness, groups,
      flow_m3_s, head_m, lift_m, input_power_w, efficiency, efficiency_u, specific_capacity_m2_s, energy_per_volume_j_m3,
      standing_level_m, annual_energy_j, annual_volume_m3, cost_per_volume)
    values ('test', index + 1, test, firm, plant, tester, day, method_edition, verdict, own_groups,
            figures[1], figures[2], figures[3], figures[4], figures[5], figures[6], figures[7], figures[8],
            more[1], more[2], more[3], more[4]);
  return index;
end $$;
revoke execute on function ll.write_revision from public;
grant execute on function ll.write_revision to ll_writer;
