/** The service in a process of its own, with the invented basin and a firm's key. */
import { startService } from '@liftledger/service'
import { seedBasin } from '../../seed/seed.ts'

const service = await startService({
  environment: {
    DATABASE_URL: process.argv[2]!,
    KEY_PEPPER: 'a pepper for the bench, of 32 characters or more',
    PORT: '0',
    LOG_LEVEL: 'error',
    RATE_PER_MINUTE: '0',
    METRICS_PORT: '0',
  },
})
const basin = await seedBasin(service)
process.send!({ url: service.url, key: basin.firms[0]!.key })
process.on('disconnect', () => void service.stop().then(() => process.exit(0)))
