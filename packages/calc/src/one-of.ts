/**
 * A choice of methods told apart by the member `method`.
 *
 * Written as `oneOf` with a discriminator, so that an error names the field of the chosen method
 * instead of listing every branch.
 */
import { type Static, type TObject, type TUnsafe, Type } from 'typebox'

/** One schema for several methods. Each member declares `method` as a constant. */
export function oneOf<const S extends readonly TObject[]>(title: string, schemas: S): TUnsafe<Static<S[number]>> {
  return Type.Unsafe<Static<S[number]>>({
    title,
    description: 'One of the methods offered, told apart by `method`.',
    type: 'object',
    required: ['method'],
    discriminator: { propertyName: 'method' },
    oneOf: schemas,
  })
}
