-- Reading tests by id, many askers at once: one message and one answer for all that wait in one turn of the service.

-- Each item is read as its own reader: the setting that the policies look at (app.firm, app.program; null for who
-- sees all) is set before its query. With the rights of the caller, so that row-level security decides, item by item.
--
-- `known` is what the service holds of the test in memory, as hashes: where they are those of the row, only
-- `is_known` comes back and neither sheet nor context is fetched. No row comes back for a test that isn't visible.
create function ll.read_tests(setting text, readers uuid[], ids uuid[], known bytea[])
  returns table (place integer, is_known boolean, firm uuid, plant uuid, day date, received timestamptz,
                 method_edition text, verdict text, sheet bytea, sheet_hash bytea, context bytea, context_hash bytea,
                 evaluation_hash bytea, ledger_index bigint)
  language plpgsql as $$
declare
  said text;
begin
  for k in 1 .. cardinality(ids) loop
    if setting is not null and (k = 1 or readers[k] is distinct from readers[k - 1]) then
      said := set_config(setting, readers[k]::text, true);
    end if;
    if known[k] is not null then
      place := k;
      select (test.raw_sha256 || test.context_sha256 || test.evaluation_sha256 || test.edition::bytea) = known[k]
        into is_known from ll.field_test test where test.id = ids[k];
      if is_known then return next; end if;
      -- No row: not visible. Another row than the one held: read below.
      continue when is_known is null or is_known;
    end if;
    return query
      select k, false, test.firm_id, test.plant_id, test.tested_on, test.received_at, test.edition, test.soundness,
             test.raw, test.raw_sha256::bytea, snapshot.body, test.context_sha256::bytea,
             test.evaluation_sha256::bytea, entry.index
      from ll.field_test test
      join ll.context_snapshot snapshot
        on snapshot.firm_id = test.firm_id and snapshot.sha256 = test.context_sha256
      join ll.ledger_entry entry on entry.subject = test.id and entry.kind = 'test'
      where test.id = ids[k];
  end loop;
  -- Nothing of the last reader stays, also where the call is part of a longer transaction.
  if setting is not null then said := set_config(setting, '', true); end if;
end $$;
revoke execute on function ll.read_tests from public;
grant execute on function ll.read_tests to ll_firm, ll_program, ll_auditor, ll_keeper;
