# M/M/1 in Ciw, as its guide writes a network of queues.
import ciw,random,sys,time
from common import out
def main(n,seed):
    net=ciw.create_network(arrival_distributions=[ciw.dists.Exponential(0.9)],service_distributions=[ciw.dists.Exponential(1.0)],number_of_servers=[1])
    ciw.seed(seed); sim=ciw.Simulation(net); t=time.perf_counter(); sim.simulate_until_max_customers(n,method='Finish'); s=time.perf_counter()-t
    recs=sim.get_all_records(only=['service'])
    out(s,len(recs),sum(r.exit_date-r.arrival_date for r in recs)/len(recs))
main(int(sys.argv[1]),int(sys.argv[2]))
