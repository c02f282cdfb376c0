/** Who reads statistics that are not protected. */
export const READERS = {
  access: {
    roles: ['firm', 'program', 'auditor'],
    scope: 'tests:read',
    others:
      'A firm sees statistics of its own tests, a program of those it was given, an auditor of all. Public statistics come monthly.',
  },
  problems: ['not-acceptable', 'invalid-request'],
  readLog: { of: 'list' },
} as const
