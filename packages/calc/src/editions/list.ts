/** The method editions, oldest first. */
import type { AnyEdition } from '../surroundings.ts'
import { edition20261 } from './2026-1.ts'

export const editions: readonly AnyEdition[] = [edition20261]

/** The edition for new tests. */
export const latestEdition: AnyEdition = editions[editions.length - 1]!

export const editionById = (id: string): AnyEdition | undefined => editions.find((edition) => edition.id === id)
