/** A plant that nobody has registered yet. */
import type { Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import type { Deps } from '../deps.ts'
import { toWire } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { Problem } from '../http/problem.ts'
import { type Author, differences, recordChange } from './changes.ts'
import { refusingDuplicates } from './conflicts.ts'
import { findPlantByCode, insertEquipment, insertPlant, type PlantRow } from './plant-queries.ts'
import type { PlantToRegister } from './schemas.ts'

/**
 * Registers the plant, gives the firm access to it and records its equipment, all or nothing.
 *
 * Throws `conflict` where the code is taken. That a code is taken has to be told, since it is one for all firms;
 * anything else about another firm's plant is not, and access to it is an administrator's to give.
 */
export async function registerPlant(
  { databases, now, newId }: Pick<Deps, 'databases' | 'now' | 'newId'>,
  principal: Principal,
  { equipment, ...asked }: PlantToRegister,
): Promise<PlantRow> {
  const firmId = principal.firmId!
  const row: PlantRow = {
    id: newId(),
    code: asked.code,
    kind: asked.kind,
    region: asked.region ?? null,
    reference: asked.reference ?? null,
    registered_by: firmId,
    created_at: now(),
  }
  const taken = `A plant with the code ${asked.code} is registered already. If it is this plant, ask for access to it with the grower’s consent: POST /v1/access-requests.`
  await refusingDuplicates({ plant_code_key: taken }, () =>
    databases.asPrincipal(principal, async (tx) => {
      const own = await findPlantByCode(tx, firmId, asked.code)
      if (own !== undefined) {
        throw new Problem('conflict', `This firm has the plant ${asked.code} already: ${toWire('plant', own.id)}.`)
      }
      const { reference, ...plant } = row
      await insertPlant(tx, plant, reference)
      if (equipment !== undefined) {
        const { effectiveFrom, ...facts } = equipment
        const by = { firmId, keyId: principal.keyId, at: row.created_at }
        await insertEquipment(tx, { plantId: row.id, effectiveFrom, facts, ...by })
      }
      await keepRegistration(tx, { principal, at: row.created_at, newId }, row.id, {
        ...asked,
        ...(equipment && { equipment }),
      })
    }),
  )
  return row
}

/** What all firms with access will see of it, and the firm's own name for the plant, which they will not. */
async function keepRegistration(
  tx: Transaction<Database>,
  author: Author,
  subject: string,
  { reference, ...shared }: PlantToRegister,
): Promise<void> {
  const changes = differences({}, shared)
  await recordChange(tx, author, { noun: 'plant', subject, deed: 'registered', changes })
  if (reference === undefined) return
  const own = differences({}, { reference })
  const { firmId } = author.principal
  await recordChange(tx, author, { noun: 'plant', subject, deed: 'changed', changes: own, firmId })
}
