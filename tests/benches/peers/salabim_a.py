# M/M/1 in salabim in its leanest form: the server and the source are its components, customers are numbers in a deque
# (a component for every customer costs many times as much).
import salabim as sim,random,sys,time
from collections import deque
from common import out
def main(n,seed):
    random.seed(seed); sim.yieldless(False); env=sim.Environment(trace=False,random_seed=seed); q=deque(); st=[0.0,0]; ev=random.expovariate
    class Server(sim.Component):
        def process(self):
            while True:
                while not q: yield self.passivate()
                a=q.popleft(); yield self.hold(ev(1.0)); st[0]+=env.now()-a; st[1]+=1
                if st[1]==n: done.activate()
    class Source(sim.Component):
        def process(self):
            for _ in range(n):
                yield self.hold(ev(0.9)); q.append(env.now())
                if server.ispassive(): server.activate()
    class Done(sim.Component):
        def process(self): yield self.passivate(); env.main().activate()
    server=Server(); done=Done(); Source(); t=time.perf_counter(); env.run(); s=time.perf_counter()-t
    out(s,st[1],st[0]/st[1])
main(int(sys.argv[1]),int(sys.argv[2]))
