// Keeps the pad for use without a network. The service writes the edition and the list of files in front.
// A new edition is fetched in the background and waits until the pad is opened the next time.
const shelf = 'pad-' + edition;

self.addEventListener('install', event => event.waitUntil(
  caches.open(shelf).then(cache => cache.addAll(['/strip', ...kept].map(path => new Request(path, { cache: 'reload' }))))));

self.addEventListener('activate', event => event.waitUntil(
  caches.keys().then(names => Promise.all(names.filter(name => name.startsWith('pad-') && name !== shelf).map(name => caches.delete(name))))));

self.addEventListener('message', event => event.data === 'take over' && self.skipWaiting());

self.addEventListener('fetch', event => {
  const { pathname } = new URL(event.request.url);
  const isPad = event.request.mode === 'navigate' && (pathname === '/strip' || pathname.startsWith('/strip/'));
  if (event.request.method === 'GET' && (isPad || kept.includes(pathname))) {
    event.respondWith(caches.open(shelf)
      .then(cache => cache.match(isPad ? '/strip' : pathname))
      .then(found => found ?? fetch(event.request)));
  }
});
