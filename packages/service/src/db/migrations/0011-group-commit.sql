-- What submissions need that come many at a time. First the records that they rest on: one message and one answer for
-- all that wait in one turn of the service.

-- Item by item in the arrays: the firm that asks, the codes of plant and tester, the codes of instruments parted by
-- spaces, the day of the visit. Each firm's items are asked with the rights of the caller and the firm's setting, so
-- that row-level security decides what there is; what isn't visible has no row.
--
-- `what` is plant, tester or instrument. `revision`, `effective_from` and `facts` (JSON) are what was in force on the
-- day: the greatest (effective_from, revision) up to it; null where nothing was. Of a tester `facts` holds the newest
-- twenty qualifications that were not withdrawn, of a correction the last word.
create function ll.look_up(readers uuid[], plant_codes text[], tester_codes text[], instrument_codes text[], days date[])
  returns table (place integer, what text, id uuid, code text, kind text, region text, revision integer,
                 effective_from date, facts text)
  language plpgsql as $$
declare
  asking uuid;
begin
  for asking in select distinct r from unnest(readers) r loop
    perform set_config('app.firm', asking::text, true);
    return query
      select q.place::integer, 'plant', plant.id, plant.code::text, plant.kind, plant.region::text,
             equipment.revision, equipment.effective_from, equipment.facts::text
      from unnest(readers, plant_codes, days) with ordinality q(reader, code, day, place)
      join ll.plant on plant.code = q.code
      left join lateral (
        select e.revision, e.effective_from, e.facts
        from ll.plant_equipment e
        where e.plant_id = plant.id and e.effective_from <= q.day
        order by e.effective_from desc, e.revision desc
        limit 1
      ) equipment on true
      where q.reader = asking;
    return query
      select q.place::integer, 'tester', tester.id, tester.code::text, null::text, null::text, null::integer, null::date,
             (select coalesce(json_agg(json_build_object('code', held.code, 'validFrom', held.valid_from,
                                                         'validUntil', held.valid_until)), '[]')::text
              from (
                select last_word.code, last_word.valid_from, last_word.valid_until
                from (
                  select distinct on (t.code, t.valid_from) t.code, t.valid_from, t.valid_until, t.withdrawn
                  from ll.tester_qualification t
                  where t.tester_id = tester.id
                  order by t.code, t.valid_from, t.revision desc
                ) last_word
                where not last_word.withdrawn
                order by last_word.valid_from desc, last_word.code
                limit 20
              ) held)
      from unnest(readers, tester_codes) with ordinality q(reader, code, place)
      join ll.tester on tester.code = q.code
      where q.reader = asking;
    return query
      select q.place::integer, 'instrument', instrument.id, instrument.code::text, instrument.kind, null::text,
             in_force.revision, in_force.effective_from, in_force.facts::text
      from unnest(readers, instrument_codes, days) with ordinality q(reader, codes, day, place)
      join ll.instrument on instrument.code = any (string_to_array(q.codes, ' '))
      left join lateral (
        select i.revision, i.effective_from, i.facts
        from ll.instrument_revision i
        where i.instrument_id = instrument.id and i.effective_from <= q.day
        order by i.effective_from desc, i.revision desc
        limit 1
      ) in_force on true
      where q.reader = asking;
  end loop;
  -- Nothing of the last reader stays, also where the call is part of a longer transaction.
  perform set_config('app.firm', '', true);
end $$;
revoke execute on function ll.look_up from public;
grant execute on function ll.look_up to ll_firm;

-- The writer asks what became of a batch whose commit was cut off: by the ids it sent, and nothing but their places.
grant select (index, kind, subject) on ll.ledger_entry to ll_writer;
create policy writer_finds on ll.ledger_entry for select to ll_writer using (true);
