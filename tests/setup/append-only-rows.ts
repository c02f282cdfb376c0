/** Rows for tables that are only ever added to, so that their guards have something to refuse. */
import { randomUUID } from 'node:crypto'
import type { RegisteredFirm } from '../../packages/service/src/db/testing.ts'

/** Rows of the tables that hold what was said and changed, one of each. */
export function rowsSaidAndChanged(ours: RegisteredFirm, theirs: RegisteredFirm) {
  const at = new Date('2026-05-04T18:00:00Z')
  const by = { key_id: 'firmfirmfirm', recorded_at: at }
  const request = {
    id: randomUUID(),
    firm_id: ours.firmId,
    plant_code: `P-${theirs.plantId.slice(0, 8)}`,
    consented_at: at,
    evidence: 'E-1',
    key_id: 'firmfirmfirm',
    requested_at: at,
  }
  return {
    request,
    decision: {
      request_id: request.id,
      firm_id: ours.firmId,
      outcome: 'declined',
      reason: 'consent-not-shown',
      key_id: 'adminadmin01',
      decided_at: at,
    },
    meter: {
      plant_id: ours.plantId,
      number: 'M-1',
      effective_from: '2026-01-01',
      revision: 1,
      recorded_by: ours.firmId,
      ...by,
    },
    check: {
      id: randomUUID(),
      firm_id: ours.firmId,
      checked_on: '2026-05-04',
      reference_value: 50,
      shown_value: 51,
      unit: 'psi',
      difference: 1,
      outcome: 'no-accuracy-stated',
      ...by,
    },
    shared: {
      plant_id: ours.plantId,
      from_firm: ours.firmId,
      to_firm: theirs.firmId,
      turn: 1,
      consent: 'given',
      consented_at: at,
      evidence: 'E-2',
      ...by,
    },
    change: {
      id: randomUUID(),
      noun: 'plant',
      subject: ours.plantId,
      by_firm: ours.firmId,
      deed: 'registered',
      changes: JSON.stringify([]),
      ...by,
    },
  }
}
